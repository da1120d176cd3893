"""Several kits on one laptop: one address, one joining, one page that says which kit is where, and fit or not.

Each kit keeps its own application, folder, log and paper, and answers below its own name (`/OH/…`); what stands on
printed labels has no such name, and is sent to the kit whose letters it carries.
"""
