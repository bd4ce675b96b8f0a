"""The archive: records of jobs in plain files, an index that only grows, and a way to forget."""
