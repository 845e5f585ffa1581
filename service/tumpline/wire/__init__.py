"""What the bytes mean, both ways: topics, units, readings, entries, documents, points, recordings.

Pure: nothing here waits, talks or tells the time. What comes from outside never raises; it is read or refused in words.
"""
