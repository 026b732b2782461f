"""Jobs: how a job is stated in text, and its states."""
