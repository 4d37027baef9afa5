"""Forms: what people type, read and checked; nothing here writes."""
