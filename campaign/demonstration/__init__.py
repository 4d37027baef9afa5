"""The demonstration show: an invented artist, room, body of work and backers. Nothing in it is borrowed."""
