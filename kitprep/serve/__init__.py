"""The screens in a browser: one page, one socket, guarded; on this machine unless told else."""
