"""Answers that are lost on the way back."""


def lose_answers(phone, number):
    """Let the next `number` posts arrive and lose their answers; returns the list of those."""
    lost = []

    def lose(route):
        if route.request.method != "POST" or "hello" in route.request.url or len(lost) >= number:
            return route.continue_()
        answer = route.fetch()
        assert answer.status < 300
        lost.append(route.request.url)
        return route.abort("connectionreset")

    phone.context.route("**/api/v1/**", lose)
    return lost
