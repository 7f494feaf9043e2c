//! Pages of the codes of the running site and of its record: W04, E and S.

use ft_syntax::CodePage;

/// Codes that the server answers with, by number.
pub const SITE: &[CodePage] = &[
    page(
        "W0401",
        "nobody is signed in",
        "Everything but the health check, signing in and the page that helps a tablet trust the site needs somebody who is signed in. A session ends after an hour without a touch, or after twelve hours.",
    ),
    page(
        "W0402",
        "name and PIN do not belong together",
        "The name is written as a lead wrote it, capitals included. The answer is the same whether the name or the PIN is wrong, so that nobody learns who works here. After three misses each try has to wait.",
    ),
    page(
        "W0403",
        "not yours to do",
        "What each role may do stands in one table of the program. Ask somebody with a role that the message names, or a lead for the role.",
    ),
    page(
        "W0404",
        "no such thing",
        "The address, or a name in it, is of nothing that is there. Names are written exactly as in the kitchen file.",
    ),
    page(
        "W0405",
        "a wrong code for the first start",
        "The first lead is made with a code that only the program's terminal shows. After a wrong try the code is another one: read it again.",
    ),
    page(
        "W0406",
        "a request that does not come from a page of this site",
        "Whatever changes something needs the header `x-fulltray: 1`, and no origin but the site's own, so that a page of another site cannot act in somebody's name. A proxy has to pass the header `host` on as it came.",
    ),
    page(
        "W0407",
        "a name that is taken",
        "Everybody has a name of their own, since the record says who did what. A name stays taken when its person no longer works here.",
    ),
    page(
        "W0408",
        "nobody would be left who leads",
        "Somebody has to be able to sign, to release and to set PINs. Make somebody else a lead first.",
    ),
    page(
        "W0409",
        "somebody is set up already",
        "The page of the first start works once. Sign in, or ask a lead to add you.",
    ),
    page(
        "W0410",
        "no night is open",
        "There is nothing to sign. A lead starts a night on the page of tonight.",
    ),
    page(
        "W0411",
        "a night is open already",
        "One night is open at a time: sign it, or go on with it. A night that was given up is signed after each of its steps was said to have happened differently.",
    ),
    page(
        "W0412",
        "there is no plan for this night",
        "With these people and this time no plan keeps every rule. Ask for other people, or for more time; `fulltray plan` tells what stands against it.",
    ),
    page(
        "W0413",
        "a request that is too large",
        "A request carries at most half a mebibyte, a machine file a quarter. Events are sent in pieces of at most 500.",
    ),
    page(
        "W0414",
        "a machine that could not be proved within the limits",
        "The proof looks at a bounded number of states, so that a night does not wait for ever. `fulltray check` with a higher limit may decide it; a shorter card does for certain.",
    ),
    page(
        "W0415",
        "a request that is not JSON",
        "What is sent is JSON with the header `content-type: application/json`. `/api/openapi.json` describes each request.",
    ),
    page(
        "W0416",
        "an address that cannot be listened on",
        "Another program listens there, or the address is not this computer's. Ports below 1024 need rights of their own. Name another with `--listen`.",
    ),
    page(
        "W0417",
        "a certificate that cannot be made or read",
        "The site keeps its own authority beside the record, or where `--certificates` says: `fulltray-ca.crt` and `fulltray-ca.key`. The folder has to be there and writable at the first start. Whoever removes the two files makes every tablet trust anew.",
    ),
    page(
        "W0418",
        "a card that is not safe",
        "No night is planned with a machine whose procedure can go wrong: the message tells the shortest way in which it does. `fulltray repair` shows which orders would make it safe.",
    ),
    page(
        "W0419",
        "a machine that is not safe with its wash loads",
        "The machine's own card is proved, but not together with what the plan washes in one load. Plan again with another seed; if it stays so, report it with the machine file.",
    ),
    page(
        "W0420",
        "a name that will not do",
        "A name has 1 to 60 characters on one line, without blanks at its ends and without characters that turn the direction of writing.",
    ),
    page("W0421", "a language that the pages do not speak", "There are `en` and `es`."),
    page(
        "W0422",
        "a request of another shape",
        "A field is missing, unknown or of another kind. The message names the place, and `/api/openapi.json` describes each request.",
    ),
    page(
        "W0423",
        "a name that is locked",
        "After ten wrong PINs a name is locked until a lead sets a new PIN. A lead's own name opens again after a quarter of an hour, since there may be nobody else.",
    ),
    page(
        "W0424",
        "a PIN that will not do",
        "A PIN has 4 to 12 digits that are not all alike and do not count up or down: those are guessed first.",
    ),
    page(
        "W0425",
        "too many events at once",
        "A device sends at most 500 events in one request, oldest first, and the rest in the next.",
    ),
    page(
        "W0426",
        "a file of the kitchen that cannot be read",
        "The kitchen file, or a machine file that it names, is not where it was. Put it back; the name is taken from the folder of the kitchen file.",
    ),
    page(
        "W0427",
        "too many wrong PINs from one address",
        "Whoever guesses at many names is slowed down as well: an address may miss twenty times, and one miss is forgotten each minute. All devices behind one proxy have its address. A tablet on which somebody has signed in before is not held up for that name.",
    ),
    page(
        "W0428",
        "a kitchen or machine file with problems",
        "The night cannot be planned from files with errors. The message is the first of them; `fulltray check` and `fulltray plan` tell them all with their places.",
    ),
    page(
        "W0429",
        "too many wrong PINs for one name",
        "After three misses each further try waits, twice as long each time, and the right PIN waits too. A lead can set a new PIN at once.",
    ),
    page(
        "W0430",
        "an event that cannot be read",
        "A device has sent what is no event of the record: a field is missing or unknown. Loading the page anew brings the program that fits.",
    ),
    page(
        "W0431",
        "a number that a device has used for something else",
        "Each device counts its events, and one number is one event. It happens when a device's storage was copied or set back. What was refused stays on the device, to be read and entered again.",
    ),
    page(
        "W0434",
        "an event in the name of the server's own device",
        "What the server itself says has a name of its own, under which no tablet can speak.",
    ),
    page(
        "W0435",
        "a time that is more than a day ahead",
        "Moves are put in order by the devices' clocks; one that is far ahead would be last for ever. Set the device's clock.",
    ),
    page(
        "W0439",
        "an event that does not say who did it",
        "What a person did carries the name of who was signed in.",
    ),
    page(
        "W0440",
        "somebody who never signed in on this device",
        "A tablet that was offline may bring the events of everybody who has signed in on it, and of nobody else.",
    ),
    page(
        "W0441",
        "what only the server says",
        "Opening a night, adding somebody and changing roles are asked of the server, which says them itself once they are allowed.",
    ),
    page(
        "W0442",
        "a fact that this role may not state",
        "Signing as a lead, releasing, overriding, recalling and erasing lengths are a lead's; training is a trainer's; an inspector states nothing.",
    ),
    page(
        "W0443",
        "a night that the record does not have",
        "The event belongs to a night of another record: the tablet was used with another site, or the record was restored from before that night.",
    ),
    page(
        "W0444",
        "a night that cannot be signed yet",
        "A step is left, a part is missing, or a move was set aside and nobody has settled it. The message names each.",
    ),
    page(
        "W0446",
        "a machine that is not in this night",
        "The night was opened without that machine. It is in the kitchen, but not in the plan.",
    ),
    page(
        "W0447",
        "a step that the machine does not have",
        "The step's name is that of the core form with which the night was opened. Loading the page anew brings it.",
    ),
    page(
        "W0448",
        "a step that may not happen yet",
        "The message tells what it waits for, and for an order that the proof asks for, what would go wrong. If it did happen, say that it happened differently.",
    ),
    page(
        "W0449",
        "a practice session that cannot have been passed",
        "Passed is the whole of it, nothing that hurts or makes ill, and at most one slip in ten moves. The figures that came with the session are weighed again.",
    ),
    page(
        "W0450",
        "a request in a way that this address does not have",
        "The address is there, but it is read with GET or told something with POST, not the other way.",
    ),
    page(
        "W0451",
        "a request that cannot be read",
        "The address, or a part of the request, is written in a way that HTTP does not allow, such as letters that are no UTF-8.",
    ),
    page(
        "W0452",
        "probes that cannot be followed as they are described",
        "The file that says which probes there are has something that cannot be right. The message names the place; `docs/probes.md` has an example.",
    ),
    page(
        "W0480",
        "a machine file of a run that does not compile",
        "A decision on a release compares what happened with the file that the run was proved with. That file, or the installed one, has errors: see its page.",
    ),
    page(
        "W0481",
        "not a moment",
        "A moment is written like 2026-06-01T20:30, in the time of the place where the server is.",
    ),
    page(
        "W0482",
        "a machine that may not serve yet",
        "Something else than the signature stands against it. The refusal is in the record with its reasons; the page of the release names what would turn each into a yes.",
    ),
    page(
        "W0483",
        "a procedure that cannot be practised",
        "Practice is on the model of the machine, which has to compile and to be proved.",
    ),
    page("W0484", "neither yes nor no", "A setting takes `yes` or `no`."),
    page(
        "W0485",
        "a link that would be open too long or not at all",
        "A link for an inspector is open for 1 to 30 days.",
    ),
    page(
        "W0486",
        "a link that is closed",
        "Its days are over, or a lead closed it. Ask the kitchen's lead for another.",
    ),
    page(
        "W0487",
        "a paper that is not printed",
        "Papers are `a4` and `letter`; labels also come one to a page, for a printer of labels: `single`.",
    ),
    page(
        "W0488",
        "more than is printed at once",
        "The message names what was asked for: more labels, or more days of a packet, than one document holds. Ask twice.",
    ),
    page(
        "W0489",
        "a label that would say what is not so",
        "A vessel of a machine gets none: the lot that was filled in has one. Nor does a lot that has to go now; a label would make it look kept.",
    ),
    page(
        "W0490",
        "a document that cannot be set",
        "A text does not fit on its page or has a letter for which there is no shape. The message names it; a shorter name helps.",
    ),
    page(
        "W0491",
        "a table of the past that cannot be used",
        "Replacements before the record began come as a table `part,place,fitted,removed,end`. The message names the first row that cannot be read; nothing of the table was taken.",
    ),
    page(
        "W0492",
        "a cost or a time that is out of range",
        "Costs are more than 0, in any one currency; a spare takes from 0 to 3650 days to come.",
    ),
    page(
        "W0500",
        "the program failed at a request",
        "That is an error of the program, and nothing was stored by halves. Try again; the log has the details for a report.",
    ),
    page(
        "W0501",
        "a plan that broke a rule",
        "The referee did not accept what the planner made, so it is not shown. That is an error of the program: please report it with the kitchen file.",
    ),
];

/// Codes of an event that the record does not take. Once refused is always refused: the device keeps it apart.
pub const EVENTS: &[CodePage] = &[
    page(
        "E0001",
        "an event of a version that this program does not know",
        "The page is newer than the server. Load the page anew, or bring the server up to date.",
    ),
    page(
        "E0002",
        "an id that is none",
        "The id of an event is a UUID of version 7 (RFC 9562) in lower case, made by the device, so that sending twice stores once.",
    ),
    page("E0003", "a count that is none", "A device counts its events from 1, without a gap."),
    page(
        "E0004",
        "a clock that nobody believes",
        "A device whose battery was empty may begin in 1970. Set its clock; what it recorded meanwhile has to be entered again.",
    ),
    page(
        "E0005",
        "a number that is none",
        "A reading or an amount is infinite or not a number. Leave it out, or enter it again.",
    ),
    page(
        "E0006",
        "a name that is none",
        "Names of devices, people, machines, parts and steps have 1 to 200 bytes on one line.",
    ),
    page(
        "E0007",
        "a machine that the kitchen does not have",
        "The machine is named exactly as in the kitchen file. It stays known when it was in a night of this record.",
    ),
    page(
        "E0008",
        "a step or a part without its machine",
        "A step belongs to a night and a machine, a part to a machine.",
    ),
    page(
        "E0009",
        "an event that is too long",
        "Words of a person have at most 4000 bytes, a whole event 64 KiB. Write the rest in a second note.",
    ),
    page(
        "E0010",
        "a reason is missing",
        "Who says that it happened differently, takes something back or overrides says why, in a few words: the record is read by others.",
    ),
    page(
        "E0011",
        "a picture without its hash",
        "A picture is named by the SHA-256 of its bytes in lower case hex, so that it cannot be exchanged.",
    ),
    page(
        "E0012",
        "an amount below nothing",
        "Litres are 0 or more. What was taken away is told as served, blended or discarded.",
    ),
    page(
        "E0013",
        "a timer that is longer than a week",
        "Timers are for one night or day. Enter the seconds again.",
    ),
    page(
        "E0014",
        "a time zone that is none",
        "A zone has its name in the time zone database, such as Europe/Madrid.",
    ),
    page("E0015", "a night that is no id", "A night is named by the id of the event that opened it."),
];

/// Codes of the place where the record is kept. Nothing that was acknowledged is lost by any of them.
pub const STORE: &[CodePage] = &[
    page(
        "S0001",
        "the disk is full",
        "Reading goes on, and tablets keep what they could not send. Make room on the disk that holds the record; a backup or an export on the same disk is the first thing to move.",
    ),
    page(
        "S0002",
        "the place of the record may only be read",
        "The program needs to write the file, and to make files beside it in the same folder. A disk that has failed is often set to read-only by the system: look at its log.",
    ),
    page(
        "S0003",
        "another program holds the record",
        "One program writes a record at a time. Stop the other one, or wait until it is done.",
    ),
    page(
        "S0004",
        "there is no record, or the database does not answer",
        "Check the path or the address, and whether PostgreSQL runs. `fulltray serve` makes a record where there is none; the other commands do not.",
    ),
    page(
        "S0005",
        "not a record, or a damaged one",
        "Name the record's own file, or restore a backup with `fulltray record restore`. Keep the damaged file: what can be read of it is evidence.",
    ),
    page(
        "S0006",
        "a record of a newer version",
        "A newer version of the program has written it. Use that version; the record is not rewritten for an older one.",
    ),
    page(
        "S0007",
        "a database that may lose what it has acknowledged",
        "PostgreSQL with `fsync = off` acknowledges before the disk has it, and a power cut then takes it back. Set it on.",
    ),
    page(
        "S0008",
        "there is a record already",
        "A backup is restored into an empty place only, so that no record is written over.",
    ),
    page(
        "S0009",
        "something that cannot be written down",
        "JSON has no word for infinity or for what is not a number, and PostgreSQL none for the character NUL. Leave the reading, or the character, out.",
    ),
    page(
        "S0010",
        "the database failed",
        "Something that has no code of its own. The program's log has the database's own words; what was acknowledged is safe.",
    ),
    page(
        "S0011",
        "a file that no export wrote",
        "`fulltray record verify` reads a record, or a file that `fulltray record export` wrote. This one is neither, or it was cut.",
    ),
];

const fn page(code: &'static str, title: &'static str, why: &'static str) -> CodePage {
    CodePage { code, title, why, wrong: "", right: "" }
}
