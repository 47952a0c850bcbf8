"""From a symptom to its cause: causes of this very build, tests, and what their outcomes say."""
