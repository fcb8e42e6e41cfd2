from customers.actions import keep_words
from customers.finding import homes_found
from jobs.actions import asking
from tests.factories import TODAY, make_home, make_promise


def test_a_home_is_found_by_the_number_of_its_job(db: None) -> None:
    home = make_home()
    household = home.household()
    assert household

    job = asking.ask(home=home, household=household, kind="fitting", source="web", on=TODAY)

    assert list(homes_found(job.number)) == [home]


def test_a_home_is_found_by_the_number_of_its_promise(db: None) -> None:
    promise = make_promise()

    keep_words(home=promise.home)

    assert list(homes_found(promise.number)) == [promise.home]
