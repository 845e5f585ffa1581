"""The line in a terminal: the band and the figures of the page, in 80 columns and without colour."""
