//! Check digits of numbers that name a person.

/// The digits of a text, as numbers.
pub(super) fn digits(text: &str) -> Vec<u32> {
    text.chars().filter_map(|letter| letter.to_digit(10)).collect()
}

/// NHS number of England and Wales: ten digits, the last from weights 10 to 2, modulo 11.
///
/// Source: NHS Data Dictionary, NHS NUMBER.
pub(super) fn nhs(digits: &[u32]) -> bool {
    let [head @ .., last] = digits else { return false };
    let sum: u32 = head.iter().zip((2..=10).rev()).map(|(digit, weight)| digit * weight).sum();
    head.len() == 9 && (11 - sum % 11) % 11 == *last && head.iter().any(|digit| *digit != head[0])
}

/// Aadhaar number of India: twelve digits, the first above 1, no palindrome, Verhoeff's check.
///
/// Source: UIDAI, "A UID Numbering Scheme", 2010; Verhoeff, "Error Detecting Decimal Codes", 1969.
pub(super) fn aadhaar(digits: &[u32]) -> bool {
    digits.len() == 12 && digits[0] >= 2 && !digits.iter().eq(digits.iter().rev()) && verhoeff(digits)
}

fn verhoeff(digits: &[u32]) -> bool {
    // The dihedral group of order ten and the permutation of Verhoeff.
    let multiply = |one: u32, other: u32| match (one < 5, other < 5) {
        (true, true) => (one + other) % 5,
        (true, false) => (one + other - 5) % 5 + 5,
        (false, true) => (one - 5 + 5 - other) % 5 + 5,
        (false, false) => (one + 5 - other) % 5,
    };
    const TURN: [u32; 10] = [1, 5, 7, 6, 2, 8, 3, 0, 9, 4];
    let check = digits.iter().rev().enumerate().fold(0, |check, (place, digit)| {
        let turned = (0..place % 8).fold(*digit, |digit, _| TURN[digit as usize]);
        multiply(check, turned)
    });
    check == 0
}

/// Social security number of the United States: area neither 000, 666 nor from 900 on, group not 00, serial not 0000.
///
/// Source: Social Security Administration, "Social Security Number Randomization", 2011.
pub(super) fn ssn(digits: &[u32]) -> bool {
    let number = |part: &[u32]| part.iter().fold(0, |sum, digit| sum * 10 + digit);
    if digits.len() != 9 {
        return false;
    }
    let area = number(&digits[..3]);
    !matches!(area, 0 | 666 | 900..) && number(&digits[3..5]) != 0 && number(&digits[5..]) != 0
}

/// Luhn's check, as in the Swedish and the Canadian number. Source: ISO/IEC 7812-1, annex B.
pub(super) fn luhn(digits: &[u32]) -> bool {
    let sum: u32 = digits
        .iter()
        .rev()
        .enumerate()
        .map(|(place, digit)| if place % 2 == 0 { *digit } else { digit * 2 / 10 + digit * 2 % 10 })
        .sum();
    sum.is_multiple_of(10) && digits.iter().any(|digit| *digit != 0)
}

/// CPF of Brazil: eleven digits, two checks modulo 11. Source: Receita Federal, by way of python-stdnum, `stdnum.br.cpf`.
pub(super) fn cpf(digits: &[u32]) -> bool {
    let check = |len: u32| {
        let sum: u32 = digits.iter().zip((2..=len + 1).rev()).map(|(digit, weight)| digit * weight).sum();
        (11 - sum % 11) % 11 % 10
    };
    digits.len() == 11
        && check(9) == digits[9]
        && check(10) == digits[10]
        && digits.iter().any(|digit| *digit != digits[0])
}

/// NIR of France: thirteen digits and 97 less their remainder. Source: INSEE, by way of python-stdnum, `stdnum.fr.nir`.
pub(super) fn nir(digits: &[u32]) -> bool {
    let number = |part: &[u32]| part.iter().fold(0_u64, |sum, digit| sum * 10 + u64::from(*digit));
    digits.len() == 15 && number(&digits[13..]) == 97 - number(&digits[..13]) % 97
}

/// Whether the letter that follows a number is the one at its remainder, as in Spain, Ireland and Finland.
pub(super) fn letter(number: u32, letters: &str, letter: char) -> bool {
    let count = u32::try_from(letters.len()).unwrap_or(1);
    letters.chars().nth((number % count) as usize) == Some(letter.to_ascii_uppercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    // Values: the documentation of python-stdnum 2.2, of the module named in each line.
    #[test]
    fn numbers_of_the_documentation_hold_and_neighbours_do_not() {
        let of = digits;
        assert!(nhs(&of("943 476 5870")) && !nhs(&of("9434765871"))); // stdnum.gb.nhs
        assert!(!aadhaar(&of("123412341234"))); // stdnum.in_.aadhaar: the first digit is too small
        assert!(aadhaar(&of("234123412346")) && !aadhaar(&of("234123412347"))); // stdnum.in_.aadhaar
        assert!(ssn(&of("536-90-4399")) && !ssn(&of("666-90-4399")) && !ssn(&of("900-90-4399"))); // stdnum.us.ssn
        assert!(luhn(&of("8803200016")) && !luhn(&of("8803200018"))); // stdnum.se.personnummer
        assert!(cpf(&of("390.533.447-05")) && !cpf(&of("231.002.999-00"))); // stdnum.br.cpf
        assert!(nir(&of("2 95 10 99 126 111 93")) && !nir(&of("295109912611199"))); // stdnum.fr.nir
        assert!(letter(54_362_315, "TRWAGMYFPDXBNJZSQVHLCKE", 'K')); // stdnum.es.dni
    }

    #[test]
    fn exactly_one_digit_completes_a_number() {
        for head in ["23456789123", "99871234560", "50000000001"] {
            let fits = (0..10).filter(|last| aadhaar(&digits(&format!("{head}{last}")))).count();
            assert_eq!(fits, 1, "{head}");
        }
    }
}
