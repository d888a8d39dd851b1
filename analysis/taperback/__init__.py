"""Taperback looks back at an athlete's race weeks and finds what worked for that athlete."""

__version__ = "0.1.0"
