"""Accessory drive: does the belt run true, tight, the right way, and fast enough?"""
