"""Will it match? Names as typed, shade, wear, and the grade they add up to.

Import the module that answers the question: `words` and `likeness` (two names), `names` (a name among many), `finder` (free
words among the stock), `grade` (pieces for a job), `shade` (colour difference).
"""

__all__: list[str] = []
