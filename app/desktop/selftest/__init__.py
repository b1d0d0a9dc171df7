"""The window drives itself through its users' stories, by mouse and keys, and takes pictures."""
