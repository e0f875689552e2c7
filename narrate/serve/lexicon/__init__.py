"""Tools for those who teach the lexicon: check it, show it, try it, count it, and explain a sheet by it."""
