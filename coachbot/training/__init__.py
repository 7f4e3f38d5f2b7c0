"""Training of the learned net from labelled phrases; used by hand, never by the running coach."""
