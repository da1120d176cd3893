"""The shape only: design file, dome, level base, classes, hub arms."""
