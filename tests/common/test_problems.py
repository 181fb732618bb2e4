"""Problem objects, as RFC 9457 has them."""

from advisory.common.problems import MOST_ERRORS, FieldError, bad_input, problem


def test_bad_input_names_the_fields_and_says_what_would_be_right():
    found = bad_input([FieldError("speed", "It must be above 0 rpm.", "above 0 rpm")]).as_dict()

    assert found == {
        "type": "/problems/bad-input",
        "title": "The input can't be used",
        "status": 400,
        "detail": "1 thing in what was sent can't be used. Look at: speed.",
        "errors": [
            {"field": "speed", "message": "It must be above 0 rpm.", "limit": "above 0 rpm"}
        ],
    }


def test_many_errors_are_counted_and_not_all_listed():
    found = bad_input([FieldError(f"f{n}", "No.") for n in range(1000)])

    assert len(found.errors) == MOST_ERRORS
    assert found.detail.startswith("1000 things")


def test_problem_of_our_own_has_a_type_of_our_own():
    found = problem("too-late", "Too late", "It is closed.", status=409)

    assert found.type == "/problems/too-late"
    assert found.status == 409
    assert found.errors == ()
