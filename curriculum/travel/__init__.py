"""A curriculum as one file that travels: written, read, compared with what stands, and only then taken in.

| module          | what it does                                                                  |
| --------------- | ----------------------------------------------------------------------------- |
| values.py       | dances and all that hangs on them, by name and in order, without keys         |
| json_text.py    | plain data as JSON that reads and compares well, and back                     |
| writing.py      | values into the file                                                          |
| reading.py      | the file into values (node.py: one object of it), each mistake with its place |
| naming.py       | which name of the file means what here, and what means nothing                |
| speaking.py     | a dance's references in the names of afterwards                               |
| merged.py       | a dance afterwards, and what each thing in it was before                      |
| merge.py        | a dance of the file into the dance that stands (merge_parts.py: one thing)    |
| whole_checks.py | what reaches across a dance: names, levels, circles                           |
| changes.py      | what is new and what changes, and how that is said (saying.py)                |
| collect.py      | rows into values; reads the database                                          |
| apply.py        | merged values into rows, in one transaction (rows.py: what hangs on figures)  |
| carry.py        | the file between preview and confirmation, signed                             |

The rule of merging: what the file says counts, what it leaves out stays as it stands, nothing is deleted.
"""
