"""The mechanical profile of a technique, its vocabulary, and its words."""
