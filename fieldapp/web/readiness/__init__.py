"""Is the kit fit?"""
