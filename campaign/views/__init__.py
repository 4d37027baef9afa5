"""HTTP: access, form, one service, redirect or page. No query, no rule, no transaction."""
