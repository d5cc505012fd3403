"""All the tables of the database, for whoever migrates it or compares it as a whole."""

from service.store import reading_tables, standing_tables, tables, trust_tables, work_tables

MODULES = (tables, trust_tables, work_tables, reading_tables, standing_tables)
"""Where tables are defined; importing a module is what adds its tables to the others."""

metadata = tables.metadata
