//! The sections of a packet; those without data are named as empty, not left out.

use crate::document::{Block, Document, Figure, Mark, Table};
use crate::packet::{Holds, Packet, Record, Release};
use crate::picture::Picture;
use crate::words::{self, say};
use crate::{NoPaper, qr};

pub(super) fn document(packet: &Packet) -> Result<Document, NoPaper> {
    let language = packet.language.as_str();
    let kind = say(language, "inspection packet", "expediente de inspección");
    let title = format!("{} – {kind} – {}", packet.kitchen, packet.about);
    let mut page = Section { language, blocks: Vec::new() };
    page.heading(1, &format!("{} – {kind}", packet.kitchen));
    page.blocks.push(Block::Lead(packet.about.clone()));
    page.blocks.push(Block::Note(packet.made.clone()));
    page.releases(packet);
    page.readings(packet);
    page.parts(packet);
    page.lots(packet);
    page.people(packet);
    page.deviations(packet);
    for drawing in &packet.pictures {
        page.heading(2, &drawing.title);
        let picture = Picture::read(&drawing.svg).map_err(NoPaper::Picture)?;
        page.blocks.push(Block::Figure(Figure { picture, alt: drawing.alt.clone(), scale_mm: None }));
    }
    page.heading(2, say(language, "The record", "El registro"));
    match &packet.record {
        Some(record) => page.record(record)?,
        None => page.nothing(),
    }
    Ok(Document { title, language: packet.language.clone(), blocks: page.blocks })
}

struct Section<'a> {
    language: &'a str,
    blocks: Vec<Block>,
}

fn mark(holds: Holds) -> Mark {
    match holds {
        Holds::Yes => Mark::Good,
        Holds::No => Mark::Bad,
        Holds::Unknown => Mark::Open,
    }
}

impl Section<'_> {
    fn say<'a>(&self, english: &'a str, spanish: &'a str) -> &'a str {
        say(self.language, english, spanish)
    }

    fn word(&self, holds: Holds) -> String {
        let words = words::of(self.language);
        match holds {
            Holds::Yes => words.yes,
            Holds::No => words.no,
            Holds::Unknown => words.unknown,
        }
        .to_owned()
    }

    fn heading(&mut self, level: u8, text: &str) {
        self.blocks.push(Block::Heading(level, text.to_owned()));
    }

    fn nothing(&mut self) {
        let nothing = words::of(self.language).nothing;
        let told = match self.language {
            "es" => format!("No hay {nothing} registrado."),
            _ => "Nothing is recorded.".to_owned(),
        };
        self.blocks.push(Block::Paragraph(told));
    }

    /// A heading and a table; where there are no rows, that is said.
    fn table(&mut self, title: &str, head: &[(&str, &str)], shares: &[f32], rows: Vec<(Holds, Vec<String>)>) {
        self.heading(2, title);
        if rows.is_empty() {
            self.nothing();
            return;
        }
        self.rows(title, head, shares, rows);
    }

    fn rows(
        &mut self,
        summary: &str,
        head: &[(&str, &str)],
        shares: &[f32],
        rows: Vec<(Holds, Vec<String>)>,
    ) {
        let head = head.iter().map(|(english, spanish)| self.say(english, spanish).to_owned()).collect();
        let (marks, rows) = rows.into_iter().map(|(holds, row)| (mark(holds), row)).unzip();
        self.blocks.push(Block::Table(Table {
            summary: summary.to_owned(),
            head,
            shares: shares.to_vec(),
            rows,
            marks,
        }));
    }

    fn releases(&mut self, packet: &Packet) {
        self.heading(2, self.say("May it serve?", "¿Puede servir?"));
        if packet.releases.is_empty() {
            self.nothing();
        }
        for release in &packet.releases {
            self.release(release);
        }
    }

    fn release(&mut self, release: &Release) {
        self.heading(3, &release.of);
        let answer = match release.may_serve {
            Holds::Yes => self.say("Yes: it may serve.", "Sí: puede servir."),
            Holds::No => self.say("No: it may not serve.", "No: no puede servir."),
            Holds::Unknown => self.say("Not known: it may not serve.", "No se sabe: no puede servir."),
        };
        self.blocks.push(Block::Lead(answer.to_owned()));
        let signed = match release.signed.as_str() {
            "" => self.say("Nobody has signed.", "Nadie ha firmado.").to_owned(),
            signed => format!("{}: {signed}", self.say("Signed", "Firmado")),
        };
        self.blocks.push(Block::Paragraph(signed));
        let rows: Vec<(Holds, Vec<String>)> = release
            .reasons
            .iter()
            .map(|reason| {
                let mut says = reason.says.clone();
                if !reason.overridden.is_empty() {
                    says = format!("{says}\n{}: {}", self.say("Overridden", "Anulado"), reason.overridden);
                }
                let cells = vec![self.word(reason.holds), says, reason.evidence.clone(), reason.rule.clone()];
                (reason.holds, cells)
            })
            .collect();
        if !rows.is_empty() {
            let head = [
                ("Holds", "Se cumple"),
                ("Reason", "Motivo"),
                ("Evidence", "Prueba"),
                ("Asked by", "Lo pide"),
            ];
            self.rows(&release.of, &head, &[1.7, 4.0, 3.6, 2.2], rows);
        }
        if !release.would_help.is_empty() {
            let would = self.say("What would turn it into a yes:", "Qué lo convertiría en un sí:").to_owned();
            self.blocks.push(Block::Paragraph(would));
            self.blocks.push(Block::List(release.would_help.clone()));
        }
    }

    fn readings(&mut self, packet: &Packet) {
        let row = |reading: &crate::packet::Reading| {
            let value = match reading.value.as_str() {
                "" => self.say("gap", "hueco").to_owned(),
                value => value.to_owned(),
            };
            let limit = match reading.whose.as_str() {
                "" => reading.limit.clone(),
                whose => format!("{} ({whose})", reading.limit),
            };
            let cells = vec![
                self.word(reading.within),
                reading.at.clone(),
                reading.what.clone(),
                value,
                limit,
                reading.by.clone(),
            ];
            (reading.within, cells)
        };
        let rows = packet.readings.iter().map(row).collect();
        let head = [
            ("Within", "Dentro"),
            ("When", "Cuándo"),
            ("What", "Qué"),
            ("Value", "Valor"),
            ("Limit", "Límite"),
            ("By", "Por"),
        ];
        let title = self.say("Readings", "Lecturas");
        self.table(title, &head, &[1.7, 2.0, 3.4, 1.7, 3.0, 1.8], rows);
    }

    fn parts(&mut self, packet: &Packet) {
        let row = |part: &crate::packet::PartSeen| {
            let cells = vec![
                self.word(part.there),
                part.slot.clone(),
                part.part.clone(),
                part.state.clone(),
                part.seen.clone(),
            ];
            (part.there, cells)
        };
        let rows = packet.parts.iter().map(row).collect();
        let head =
            [("There", "Está"), ("Slot", "Hueco"), ("Part", "Pieza"), ("State", "Estado"), ("Seen", "Visto")];
        let title = self.say("Parts", "Piezas");
        self.table(title, &head, &[1.7, 1.4, 4.0, 2.8, 3.0], rows);
    }

    fn lots(&mut self, packet: &Packet) {
        let row = |lot: &crate::packet::Lot| {
            let cells = vec![
                self.word(lot.in_date),
                lot.code.clone(),
                lot.product.clone(),
                lot.history.clone(),
                lot.discard_by.clone(),
                lot.share.clone(),
            ];
            (lot.in_date, cells)
        };
        let rows = packet.lots.iter().map(row).collect();
        let head = [
            ("In date", "En fecha"),
            ("Lot", "Lote"),
            ("Product", "Producto"),
            ("History", "Historia"),
            ("Discard by", "Desechar antes de"),
            ("Share", "Parte"),
        ];
        let title = self.say("Lots", "Lotes");
        self.table(title, &head, &[1.7, 1.9, 2.2, 4.4, 2.2, 1.2], rows);
    }

    fn people(&mut self, packet: &Packet) {
        let row = |person: &crate::packet::Person| {
            let cells =
                vec![self.word(person.may), person.name.clone(), person.role.clone(), person.did.clone()];
            (person.may, cells)
        };
        let rows = packet.people.iter().map(row).collect();
        let head = [("Allowed to", "Autorizado"), ("Name", "Nombre"), ("Role", "Función"), ("Did", "Hizo")];
        let title = self.say("People", "Personas");
        self.table(title, &head, &[1.9, 2.4, 2.0, 6.0], rows);
    }

    fn deviations(&mut self, packet: &Packet) {
        self.heading(2, self.say("What went differently", "Qué fue diferente"));
        if packet.deviations.is_empty() {
            self.nothing();
            return;
        }
        let items = packet.deviations.iter().map(|deviation| {
            let then =
                if deviation.then.is_empty() { String::new() } else { format!(" → {}", deviation.then) };
            format!("{}: {}{then}", deviation.at, deviation.what)
        });
        self.blocks.push(Block::List(items.collect()));
    }

    fn record(&mut self, record: &Record) -> Result<(), NoPaper> {
        let events = self.say("events", "sucesos");
        self.blocks.push(Block::Paragraph(format!("{}: {} {events}", record.span, record.events)));
        let hash = self.say("Hash of the last event", "Resumen del último suceso");
        self.blocks.push(Block::Paragraph(format!("{hash}: {}", record.hash)));
        let key = match record.key.as_str() {
            "" => self.say("It is not signed.", "No está firmado.").to_owned(),
            key => format!("{}: {key}", self.say("Key of the site", "Clave del lugar")),
        };
        self.blocks.push(Block::Paragraph(key));
        let alt = format!("{}: {}", self.say("QR code of the hash", "Código QR del resumen"), record.hash);
        let picture = qr::qr(&record.hash)?;
        let scale_mm = Some(30.0 / picture.width);
        self.blocks.push(Block::Figure(Figure { picture, alt, scale_mm }));
        if !record.verify.is_empty() {
            self.heading(3, self.say("How to verify it", "Cómo comprobarlo"));
            self.blocks.push(Block::List(record.verify.clone()));
        }
        Ok(())
    }
}
