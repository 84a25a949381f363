"""Going on with a job that stopped: where it stopped, where the machine hangs, and the rest as a job."""
