"""What we compute. It would be the same with pen and paper: no clock, no await, no file, no log.

Five words: an *event* goes into a `PressLine`, *effects* come out; *params* are the numbers a line is built from;
an *estimate* is a figure that still knows where its uncertainty comes from; an *entry* is what only people know.
"""
