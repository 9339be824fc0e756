"""Many files: found, checked in several processes, kept, summed up and compared."""
