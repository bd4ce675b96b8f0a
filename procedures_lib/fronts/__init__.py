"""The front ends: site, paper, search, formats for programs, command line, tests of pages."""
