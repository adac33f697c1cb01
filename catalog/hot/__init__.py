"""The reads asked all day, as SQL written once for each database and rebound: building a query set costs ten
times what the query does. Each is held against the live query set in tests/database/."""
