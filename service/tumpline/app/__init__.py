"""The only place that knows everyone: settings become objects, run, and stop in order."""
