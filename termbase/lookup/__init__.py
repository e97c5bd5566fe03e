"""lookup"""
