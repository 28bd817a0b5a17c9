"""Integers and prices only: who goes where and when."""
