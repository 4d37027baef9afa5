"""Pages of the rooms Print, Send, Hang and Settle."""
