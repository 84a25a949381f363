"""Pictures: reading them, their tone, their colours given to pens, and tracing of flat art."""
