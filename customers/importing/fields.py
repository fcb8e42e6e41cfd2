"""What a table of homes may tell, and by which words its headings are known."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Field:
    """`words` are headings, folded, the surest first; English and Spanish."""

    code: str
    label: str
    words: tuple[str, ...]


def _field(code: str, label: str, words: str) -> Field:
    return Field(code, label, tuple(words.split(", ")))


FIELDS = (
    _field(
        "name",
        "Household: name",
        "household, name, customer, customer name, client, client name, owner, owner name, "
        "homeowner, homeowner name, full name, contact, contact name, nombre, nombre completo, "
        "cliente, propietario, dueno, titular, hogar, dba, site name",
    ),
    _field(
        "given_name",
        "Household: first name",
        "first name, given name, firstname, first, forename, nombre de pila, primer nombre",
    ),
    _field(
        "family_name",
        "Household: last name",
        "last name, surname, family name, lastname, last, apellido, apellidos",
    ),
    _field(
        "phone",
        "Telephone",
        "phone, telephone, phone number, tel, mobile, cell, cell phone, home phone, mobile "
        "phone, contact phone number, telefono, celular, movil, numero de telefono",
    ),
    _field(
        "second_phone",
        "Second telephone",
        "second phone, other phone, alternate phone, alt phone, phone 2, work phone, telephone "
        "2, segundo telefono, otro telefono, telefono 2",
    ),
    _field(
        "mail",
        "Mail",
        "mail, email, e mail, email address, e mail address, mail address, correo, correo "
        "electronico, email cliente",
    ),
    _field(
        "language",
        "Language",
        "language, preferred language, idioma, lengua, idioma preferido",
    ),
    _field(
        "mail_consent",
        "May we write mails? (yes, no)",
        "mail consent, email consent, email opt in, consent, opt in, emails ok, may we mail, "
        "consentimiento, acepta correos, permite correos",
    ),
    _field(
        "another_home",
        "Another home, though one that we know is like it? (yes)",
        "another home, otra casa, otro hogar",
    ),
    _field(
        "note",
        "Note about the household",
        "note, notes, comment, comments, remark, remarks, nota, notas, observaciones, comentarios",
    ),
    _field(
        "address",
        "Whole address in one cell",
        "address, full address, property address, service address, site address, home address, "
        "direccion, direccion completa, domicilio",
    ),
    _field(
        "house_number",
        "House number",
        "house number, street number, number, house no, street no, building, numero, num, "
        "numero exterior",
    ),
    _field(
        "street",
        "Street",
        "street, street address, address 1, address1, address line 1, street name, calle, calle "
        "y numero, via",
    ),
    _field(
        "unit",
        "Unit",
        "unit, apt, apartment, suite, unit number, apt number, address 2, address2, address "
        "line 2, unidad, apartamento, departamento, interior",
    ),
    _field(
        "city",
        "City or town",
        "city, town, city town, suburb, locality, place, boro, borough, ciudad, poblacion, "
        "municipio, localidad, pueblo",
    ),
    _field(
        "region",
        "State",
        "state, region, province, estado, provincia",
    ),
    _field(
        "postal_code",
        "Postal code",
        "postal code, zip, zip code, zipcode, postcode, post code, codigo postal, cp",
    ),
    _field(
        "country",
        "Country",
        "country, pais",
    ),
    _field(
        "neighbourhood",
        "Neighbourhood",
        "neighbourhood, neighborhood, subdivision, community, hoa, colonia, barrio, vecindario, "
        "fraccionamiento",
    ),
    _field(
        "since",
        "Owned since",
        "owned since, owner since, since, moved in, move in date, customer since, propietario "
        "desde, desde, cliente desde",
    ),
    _field(
        "installed_on",
        "Day of fitting",
        "installed on, install date, installed, installation date, date installed, day of "
        "fitting, fitted on, fitted, job date, date of work, work date, service date, "
        "completed, completed on, date completed, completion date, fecha de instalacion, "
        "instalado, fecha instalacion, fecha de trabajo, fecha",
    ),
    _field(
        "price",
        "Price of that job",
        "price, amount, total, job total, job price, cost to customer, paid, invoice total, "
        "revenue, job value, precio, importe, monto, total pagado",
    ),
    _field(
        "promise_number",
        "Number of a promise given",
        "warranty number, certificate number, certificate, promise number, warranty no, "
        "warranty id, numero de garantia, certificado",
    ),
    _field(
        "promised_on",
        "Promise given on",
        "warranty date, promised on, warranty start, warranty issued, warranty from, "
        "certificate date, fecha de garantia, garantia desde",
    ),
    _field(
        "promise_text",
        "Promise given: its terms, or yes",
        "warranty, promise, guarantee, warranty terms, warranty type, lifetime warranty, "
        "garantia, tipo de garantia",
    ),
    _field(
        "promise_until",
        "Promise ends on",
        "warranty until, warranty expires, warranty end, warranty expiration, expires, garantia "
        "hasta, vence",
    ),
    _field(
        "promise_lasts",
        "Promise lasts as long as (home, household)",
        "warranty lasts, promise lasts, transferable, warranty basis",
    ),
)
ANOTHER_HOME = "Another home"  # the heading under which a person answers what we asked
LABELS = {field.code: field.label for field in FIELDS}
DATES = ("since", "installed_on", "promised_on", "promise_until")
