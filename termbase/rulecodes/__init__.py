"""rulecodes"""
