"""Stock reserved for a build or a quote, and released again."""
