"""One function per act of a person; the command line and the web call nothing else."""
