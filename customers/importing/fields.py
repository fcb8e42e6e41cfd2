"""What a table of homes may tell, and by which words its headings are known."""

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Field:
    """`words` are headings, folded, the surest first; English and Spanish."""

    code: str
    label: str
    words: tuple[str, ...]
    hint: str = ""


def _fields() -> Iterator[Field]:
    for line in _TABLE.strip().splitlines():
        code, label, words, *hint = (part.strip() for part in line.split("|"))
        yield Field(code, label, tuple(word.strip() for word in words.split(",")), *hint)


_TABLE = """
name|Household: name|household,name,customer,customer name,client,client name,owner,owner name,homeowner,homeowner name,full name,contact,contact name,nombre,nombre completo,cliente,propietario,dueno,titular,hogar,dba,site name
given_name|Household: first name|first name,given name,firstname,first,forename,nombre de pila,primer nombre
family_name|Household: last name|last name,surname,family name,lastname,last,apellido,apellidos
phone|Telephone|phone,telephone,phone number,tel,mobile,cell,cell phone,home phone,mobile phone,contact phone number,telefono,celular,movil,numero de telefono
second_phone|Second telephone|second phone,other phone,alternate phone,alt phone,phone 2,work phone,telephone 2,segundo telefono,otro telefono,telefono 2
mail|Mail|mail,email,e mail,email address,e mail address,mail address,correo,correo electronico,email cliente
language|Language|language,preferred language,idioma,lengua,idioma preferido
mail_consent|May we write mails? (yes, no)|mail consent,email consent,email opt in,consent,opt in,emails ok,may we mail,consentimiento,acepta correos,permite correos
note|Note about the household|note,notes,comment,comments,remark,remarks,nota,notas,observaciones,comentarios
address|Whole address in one cell|address,full address,property address,service address,site address,home address,direccion,direccion completa,domicilio
house_number|House number|house number,street number,number,house no,street no,building,numero,num,numero exterior
street|Street|street,street address,address 1,address1,address line 1,street name,calle,calle y numero,via
unit|Unit|unit,apt,apartment,suite,unit number,apt number,address 2,address2,address line 2,unidad,apartamento,departamento,interior
city|City or town|city,town,city town,suburb,locality,place,boro,borough,ciudad,poblacion,municipio,localidad,pueblo
region|State|state,region,province,estado,provincia
postal_code|Postal code|postal code,zip,zip code,zipcode,postcode,post code,codigo postal,cp
country|Country|country,pais
neighbourhood|Neighbourhood|neighbourhood,neighborhood,subdivision,community,hoa,colonia,barrio,vecindario,fraccionamiento
since|Owned since|owned since,owner since,since,moved in,move in date,customer since,propietario desde,desde,cliente desde
installed_on|Day of fitting|installed on,install date,installed,installation date,date installed,day of fitting,fitted on,fitted,job date,date of work,work date,service date,completed,completed on,date completed,completion date,fecha de instalacion,instalado,fecha instalacion,fecha de trabajo,fecha
price|Price of that job|price,amount,total,job total,job price,cost to customer,paid,invoice total,revenue,job value,precio,importe,monto,total pagado
promise_number|Number of a promise given|warranty number,certificate number,certificate,promise number,warranty no,warranty id,numero de garantia,certificado
promised_on|Promise given on|warranty date,promised on,warranty start,warranty issued,warranty from,certificate date,fecha de garantia,garantia desde
promise_text|Promise given: its terms, or yes|warranty,promise,guarantee,warranty terms,warranty type,lifetime warranty,garantia,tipo de garantia
promise_until|Promise ends on|warranty until,warranty expires,warranty end,warranty expiration,expires,garantia hasta,vence
promise_lasts|Promise lasts as long as (home, household)|warranty lasts,promise lasts,transferable,warranty basis
"""

FIELDS = tuple(_fields())
LABELS = {field.code: field.label for field in FIELDS}
DATES = ("since", "installed_on", "promised_on", "promise_until")
