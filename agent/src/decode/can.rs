//! One CAN frame, whatever source it comes from, and SAE J1939 identifiers.

/// An identifier with its kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CanId {
    /// 11 bits.
    Standard(u16),
    /// 29 bits.
    Extended(u32),
}

/// What was on the bus.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CanFrame<'a> {
    /// Data, classic or FD.
    Data {
        /// Identifier.
        id: CanId,
        /// Payload, at most 64 bytes.
        data: &'a [u8],
    },
    /// A request without data.
    Remote,
    /// A report of the CAN controller.
    Error,
}

impl CanId {
    /// The parameter group of a J1939 identifier: what is in the message, without
    /// priority and addresses. Bits 24 and 25 are its pages, 16 to 23 the PDU
    /// format F, 8 to 15 the destination if F < 240, else part of the number.
    /// Source: the SAE J1939 identifier layout as in can-utils,
    /// `can-j1939-kickstart.md`.
    pub fn pgn(self) -> Option<u32> {
        let Self::Extended(id) = self else { return None };
        let pgn = id >> 8 & 0x3_FFFF;
        let format = pgn >> 8 & 0xFF;
        Some(if format < 240 { pgn & 0x3_FF00 } else { pgn })
    }
}

/// Payload bytes of a data length code. Source: can-utils `lib.c`, `dlc2len`.
pub(crate) fn length_of_code(code: u8) -> usize {
    match code {
        0..=8 => usize::from(code),
        9..=12 => 12 + usize::from(code - 9) * 4,
        13 => 32,
        14 => 48,
        _ => 64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: cantools 45.1.0 `j1939.frame_id_unpack`; the README of j1939decode;
    // AgIsoStack++ `speed_distance_message_tests.cpp`; can-utils `can-j1939-kickstart.md`.
    #[test]
    fn parameter_groups() {
        let cases = [
            (0x18FE_F100, 65_265),
            (0x0CF0_0400, 61_444),
            (0x0CFE_4845, 65_096),
            (0x0CFE_4945, 65_097),
            (0x0CF0_2245, 0xF022),
            (0x1823_FF40, 0x2300),
            (0x1823_4140, 0x2300),
            (0x1BFF_FF80, 0x3_FFFF),
            (0x1923_FF80, 0x1_2300),
            (0x1923_4080, 0x1_2300),
            (0x0C02_FF80, 0x0200),
            // The last format with a destination, and the first without.
            (0x18EF_2A80, 0xEF00),
            (0x18F0_2A80, 0xF02A),
            (0x1801_FF80, 0x0100),
        ];
        for (id, pgn) in cases {
            assert_eq!(CanId::Extended(id).pgn(), Some(pgn), "{id:08X}");
        }
        assert_eq!(CanId::Standard(0x7FF).pgn(), None);
    }
}
