"""Editing definition files: a change is a value, text goes in and text comes out.

What a person wrote around a change stays to the letter: comments, order, blank lines, line ends.
"""
