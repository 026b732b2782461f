"""The search for the right camshaft: what is turned, what is weighed, and what no other one beats."""
