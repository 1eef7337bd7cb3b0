"""How a problem of the API is recognised."""


def problem(answer, status):
    """Return the sentence of a problem, which `answer` has to be."""
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    return answer.json()["detail"]
