"""How a campaign goes: its course from day to day, and where it may end."""
