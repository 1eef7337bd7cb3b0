"""The stages of a build: started, finished, reopened; and the lock on a build."""
