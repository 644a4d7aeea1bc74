"""Pictures of answers: plain records in, one `<svg>` element out. Nothing here computes."""
