//! How pages are to look: paper, size of letters, columns of text.

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// Whatever the printer has.
    #[default]
    Any,
    /// 8.5 x 11 in (ANSI A).
    Letter,
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 5.5 x 8.5 in: half a Letter sheet.
    Half,
    /// A card of 4 x 6 in, lying.
    FourBySix,
    /// A card of 3 x 5 in, lying.
    ThreeByFive,
}

impl Size {
    /// The page as a style sheet has it: its size and its margins.
    pub(super) const fn page(self) -> &'static str {
        match self {
            Size::Any => "size: auto; margin: 14mm 12mm 16mm",
            Size::Letter => "size: 8.5in 11in; margin: 14mm 12mm 16mm",
            Size::A4 => "size: 210mm 297mm; margin: 14mm 12mm 16mm",
            Size::Half => "size: 5.5in 8.5in; margin: 9mm 8mm 13mm",
            Size::FourBySix => "size: 6in 4in; margin: 6mm 6mm 11mm",
            Size::ThreeByFive => "size: 5in 3in; margin: 3.2mm 4mm 9.6mm",
        }
    }

    /// Whether it is card stock.
    pub(in crate::paper) const fn is_card(self) -> bool {
        matches!(self, Size::FourBySix | Size::ThreeByFive)
    }

    /// Whether it is a whole sheet.
    pub(in crate::paper) const fn is_whole(self) -> bool {
        matches!(self, Size::Any | Size::Letter | Size::A4)
    }

    /// The word by which a style sheet knows it.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Size::Any | Size::Letter | Size::A4 => "sheet",
            Size::Half => "half",
            Size::FourBySix => "card-6",
            Size::ThreeByFive => "card-5",
        }
    }
}

/// How pages are to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// The paper of pages.
    pub size: Size,
    /// Letters of 18 points instead of 12.
    pub large: bool,
    /// Columns of text.
    pub columns: usize,
    /// Car cards with their backs on sheets of their own, to be turned on the long edge.
    pub duplex: bool,
    /// Text without accents and without letters beyond ASCII.
    pub ascii: bool,
}

impl Look {
    /// How many cards stand beside each other, and how many below each other, on a sheet of cards
    /// that are turned.
    pub(in crate::paper) const fn grid(self) -> (usize, usize) {
        match (self.size, self.large) {
            (Size::Any | Size::Letter | Size::A4, false) => (2, 3),
            (Size::Any | Size::Letter | Size::A4, true) => (2, 2),
            (Size::Half, _) => (1, 2),
            (Size::FourBySix | Size::ThreeByFive, _) => (1, 1),
        }
    }

    /// Whether a line has no room for words beside several columns.
    pub(in crate::paper) const fn is_narrow(self) -> bool {
        matches!((self.size, self.large), (Size::ThreeByFive, _) | (Size::FourBySix | Size::Half, true))
    }

    /// The letters in the margin of a page, and what they stand below it: two lines of them fit.
    pub(super) const fn in_the_margin(self) -> &'static str {
        match (self.size, self.large) {
            (Size::ThreeByFive, _) => "font-size: 8pt; padding-top: .3mm",
            (Size::FourBySix, false) => "font-size: 8pt; padding-top: 1mm",
            (Size::FourBySix, true) => "font-size: 9pt; padding-top: .3mm",
            (_, false) => "font-size: 8pt; padding-top: 1.5mm",
            (Size::Half, true) => "font-size: 11pt; padding-top: .5mm",
            (_, true) => "font-size: 12pt; padding-top: 1.5mm",
        }
    }
}

impl Default for Look {
    fn default() -> Self {
        Look { size: Size::Any, large: false, duplex: false, columns: 80, ascii: false }
    }
}
