"""The physics of the heat balance as plain functions: floats or arrays in SI units go in, floats or arrays come out."""
