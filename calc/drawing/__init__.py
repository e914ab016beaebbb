"""The pen of all line drawings, and results drawn with the reader's numbers: `build`, `axle_plan` and `side_view`.

They take numbers and texts; what to measure on a step's page is drawn by `calc.desk.measuring`.
"""
