"""Stiffness, mechanisms, loads and capacities of a frame or a part of one."""
