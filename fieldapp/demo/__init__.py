"""The demo kit: Orchard Hall, the shade and story pavilion of a village orchard's harvest week. All invented."""
