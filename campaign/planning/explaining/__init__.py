"""Why a show is as it is: what would hang a work, shows compared, landings and promises."""
