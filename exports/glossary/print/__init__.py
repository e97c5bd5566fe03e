"""print"""
