"""A dance's figures as a spreadsheet: read, compared with what stands, shown, and only then written.

| module       | what it does                                                         | knows the database |
| ------------ | -------------------------------------------------------------------- | ------------------ |
| columns.py   | the ten columns and how their names are recognised                   | no                 |
| cells.py     | what stands in a cell: names, beats, minutes; harmless to a program   | no                 |
| reader.py    | a file's bytes into rows (csv_file.py, xlsx_file.py)                  | no                 |
| wanted.py    | a row into the figure it asks for, each mistake at its cell           | no                 |
| compare.py   | all rows and what stands into `Changes`                               | no                 |
| writer.py    | what stands into a file that imports unchanged                        | no                 |
| carry.py     | the rows between preview and confirmation, signed                     | no                 |
| standing.py  | the dance's rows into `Standing`                                      | reads              |
| apply.py     | `Changes` into rows, in one transaction                               | writes             |
"""
