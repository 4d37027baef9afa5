"""From price book and recipes to options, purchases and their lines in words."""
