"""What every kind of paper is made with: pages of a kit, a book, the kit's language."""
