"""How the framework itself writes numbers: alike in every language.

Pages write numbers through filters that know the reader's decimal sign. What the
framework writes unasked stands in data- attributes and drawings, where only a point
is understood.
"""
