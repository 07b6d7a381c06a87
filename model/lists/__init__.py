"""Lists of a plant, derived and never typed: schedules, cut lists, stores, spares, ports, materials, budgets.

Each module turns a site (or a cable) of a ``Source`` into frozen rows. Numbers are running fibre numbers; how a row
looks on paper or in a file is somebody else's business.
"""
