"""The pages, one file each: what it shows, what it takes, and its ``TAB``."""
