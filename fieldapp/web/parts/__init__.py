"""Finding a part or a place, by photo, camera or ID; its page, its history, the stock."""
