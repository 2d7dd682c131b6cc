"""A season kept, shown and shared: the log in every form, pictures, and the page for the grower."""
