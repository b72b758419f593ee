//! How a section of the table is written: a line for each entry, which becomes a method of its name.
//!
//! A form can only say what the table has, and an entry that no form says is a warning of the
//! compiler, so that table and forms cannot drift apart.

/// A section: `say` is a text with parts, `count` one for one thing or for several, `label` words alone,
/// `unit` a quantity.
macro_rules! section {
    ($(#[$doc:meta])* $name:ident is $key:literal, $title:literal {
        $( $kind:ident $word:ident $parts:tt $first:literal $(or $second:literal)?; )*
    }) => {
        $(#[$doc])*
        #[derive(Clone, Debug)]
        pub(in crate::paper) struct $name {
            $( $word: $crate::paper::words::saying::Saying, )*
        }

        impl Default for $name {
            fn default() -> Self {
                $name { $( $word: $crate::paper::words::section::entry!($parts $first $($second)?), )* }
            }
        }

        impl $name {
            /// What a host's file calls the section, what it is about, and its entries.
            pub(super) fn listed(&mut self) -> $crate::paper::words::Listed<'_> {
                $crate::paper::words::Listed {
                    key: $key,
                    title: $title,
                    entries: vec![$( (stringify!($word), &mut self.$word), )*],
                }
            }

            $( $crate::paper::words::section::method!($kind $word $parts); )*
        }
    };
}

/// An entry as it is built in.
macro_rules! entry {
    (($($part:ident),*) $first:literal) => {
        $crate::paper::words::saying::Saying::built_in(&[$(stringify!($part)),*], $first, None)
    };
    (($($part:ident),*) $first:literal $second:literal) => {
        $crate::paper::words::saying::Saying::built_in(&[$(stringify!($part)),*], $first, Some($second))
    };
}

/// The method that says an entry.
macro_rules! method {
    (label $word:ident ()) => {
        pub(in crate::paper) fn $word(&self) -> $crate::paper::words::Label {
            self.$word.label()
        }
    };
    (unit $word:ident ()) => {
        pub(in crate::paper) fn $word(&self) -> $crate::paper::words::Saying {
            self.$word.clone()
        }
    };
    (say $word:ident ()) => {
        pub(in crate::paper) fn $word(&self) -> $crate::paper::phrase::Phrase {
            self.$word.said(&mut [])
        }
    };
    (count $word:ident ()) => {
        pub(in crate::paper) fn $word(&self, count: usize) -> $crate::paper::phrase::Phrase {
            self.$word.counted(count, &mut [])
        }
    };
    (say $word:ident ($($part:ident),+)) => {
        pub(in crate::paper) fn $word<'p>(
            &self,
            $($part: impl Into<$crate::paper::words::saying::Part<'p>>),*
        ) -> $crate::paper::phrase::Phrase {
            self.$word.said(&mut [$($part.into()),*])
        }
    };
    (count $word:ident ($($part:ident),+)) => {
        pub(in crate::paper) fn $word<'p>(
            &self,
            count: usize,
            $($part: impl Into<$crate::paper::words::saying::Part<'p>>),*
        ) -> $crate::paper::phrase::Phrase {
            self.$word.counted(count, &mut [$($part.into()),*])
        }
    };
}

pub(super) use {entry, method, section};
