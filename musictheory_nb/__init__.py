"""placeholder until the parts land"""
