"""The commands of `matchmark`, a file a topic: flags, the call, what is printed. Imported when one is run."""
