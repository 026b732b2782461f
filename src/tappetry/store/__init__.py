"""The shop's memory: jobs with all their versions, kits, quotes and who did what, in one database."""
