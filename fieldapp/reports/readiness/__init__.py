"""Is the kit fit for the next raise?"""
