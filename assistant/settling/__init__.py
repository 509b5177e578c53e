"""What the ears heard becomes what is accepted, asked about, or left."""
