"""Parts: IDs, cut lengths, stock cutting, interchange, allocation to places."""
