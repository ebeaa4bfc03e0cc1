"""The author's and QA's desk: questions without an answer, impact of a change, release sign-off."""
