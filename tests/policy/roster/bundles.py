"""OneRoster bundles for tests.

Columns are those of the tables in 1EdTech's OneRoster CSV Binding 1.2.1, from memory,
compared with heads of bundles that others published.
"""

import io
from zipfile import ZIP_DEFLATED, ZipFile

HEADS = {
    "users": "sourcedId,status,dateLastModified,enabledUser,username,userIds,givenName,"
    "familyName,middleName,identifier,email,sms,phone,agentSourcedIds,grades,password,"
    "userMasterIdentifier,resourceSourcedIds,preferredGivenName,preferredMiddleName,"
    "preferredFamilyName,primaryOrgSourcedId,pronouns",
    "classes": "sourcedId,status,dateLastModified,title,grades,courseSourcedId,"
    "classCode,classType,location,schoolSourcedId,termSourcedIds,subjects,"
    "subjectCodes,periods",
    "courses": "sourcedId,status,dateLastModified,schoolYearSourcedId,title,courseCode,"
    "grades,orgSourcedId,subjects,subjectCodes",
    "enrollments": "sourcedId,status,dateLastModified,classSourcedId,schoolSourcedId,"
    "userSourcedId,role,primary,beginDate,endDate",
}


def table(name, rows):
    """A file of the standard with these cells by column, the others empty."""
    head = HEADS[name].split(",")
    lines = [",".join(row.get(column, "") for column in head) for row in rows]
    return "\r\n".join([HEADS[name], *lines]) + "\r\n"


def person(pk, given, family, **cells):
    return {"sourcedId": pk, "givenName": given, "familyName": family, **cells}


def room(pk, code="", title="Laboratory", course="c1"):
    return {
        "sourcedId": pk,
        "classCode": code,
        "title": title,
        "courseSourcedId": course,
    }


def enrolment(room_pk, person_pk, role="student", **cells):
    return {
        "classSourcedId": room_pk,
        "userSourcedId": person_pk,
        "role": role,
        **cells,
    }


def bundle(*, manifest=None, without=(), **tables):
    """The bytes of a bundle: two students and a teacher in A1, unless told."""
    tables = {
        "users": [
            person("u1", "Ivo", "Marsh", identifier="7"),
            person("u2", "Ida", "Marsh", identifier="8"),
            person("u3", "Eva", "Voss", identifier="9"),
        ],
        "classes": [room("k1", "A1")],
        "courses": [{"sourcedId": "c1", "title": "Analysis", "courseCode": "CH2"}],
        "enrollments": [
            enrolment("k1", "u1"),
            enrolment("k1", "u3", role="teacher"),
            enrolment("k1", "u2"),
        ],
        **tables,
    }
    said = {
        "manifest.version": "1.0",
        "oneroster.version": "1.2",
        **{f"file.{name}": "bulk" for name in tables},
        **(manifest or {}),
    }
    files = {name: table(name, rows) for name, rows in tables.items()}
    files["manifest"] = "propertyName,value\r\n" + "".join(
        f"{key},{value}\r\n" for key, value in said.items()
    )
    out = io.BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for name, text in files.items():
            if name not in without:
                archive.writestr(f"{name}.csv", text)
    return out.getvalue()
