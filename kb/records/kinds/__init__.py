"""The kinds of part, a file for each family. A new file is found by itself."""
