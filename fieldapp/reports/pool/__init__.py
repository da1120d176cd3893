"""Parts that kits lend each other: which part of one is as those of another, who can spare one, where it is now."""
