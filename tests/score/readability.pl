#!/usr/bin/perl
# A second counter of reading grades (Lingua::EN::Fathom, general-purpose): the text on
# standard input, the grades as JSON.  The module has no SMOG: it is worked out here from
# the module's own counts by the formula of SMOG (McLaughlin 1969, as in diction's style).
use strict;
use warnings;
use Lingua::EN::Fathom;

binmode(STDIN, ':encoding(UTF-8)');
my $text = do { local $/; <STDIN> };
my $counter = Lingua::EN::Fathom->new;
$counter->analyse_block($text);
die "no sentence was counted\n" if !$counter->num_sentences;
my $long = $counter->percent_complex_words * $counter->num_words / 100;
my $smog = 1.0430 * sqrt($long * 30 / $counter->num_sentences) + 3.1291;
printf("{\"kincaid\": %.4f, \"smog\": %.4f}\n", $counter->kincaid, $smog);
