"""In the browser: the desk where a loom is entered and decided, the bench where it is built."""
