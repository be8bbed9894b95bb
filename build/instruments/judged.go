package instruments

import "plainleaf/app/sheet"

// Rating is what a person who did not write a sheet says of an item that no program
// computes: 1 for met, 0 for not, and why. A reader who finds a sheet changed rates it again.
type Rating struct {
	Item          string
	Kind          sheet.Kind
	Met           int
	NotApplicable bool // where the instrument lets an item not apply
	Why           string
	By            string // the role of the reader, and the day
}

// mayNotApply are the judged items that do not apply where a sheet has no pictures, or
// no number that tells how often or how much.
var mayNotApply = []string{"PM-16", "PM-18", "CC-16"}

// owed are the items that a kind of sheet does not meet yet. The list only shrinks: an
// item that is met and one that is missing here both fail the test.
var owed = map[sheet.Kind][]string{
	sheet.Options:   {"PM-8", "CC-9", "CC-16"},
	sheet.Wait:      {"PM-16"},
	sheet.Consent:   {"PM-8", "PM-15", "CC-8", "CC-9", "CC-18"},
	sheet.TryIn:     {"PM-2"},
	sheet.Change:    {"PM-15", "CC-16"},
	sheet.Aftercare: {"PM-15", "PM-26", "CC-4"},
}

// under are the parts in which a kind does not have enough yet.
var under = map[sheet.Kind][]string{
	sheet.Consent:   {parts[0], parts[2]},
	sheet.Aftercare: {parts[1]},
}

const second = "second reader, 2026-11-30"

// ratings are of the sheets on paper, in English. An item without a row is not judged
// yet, and the test fails.
var ratings = []Rating{
	{Item: "PM-2", Kind: sheet.Options, Met: 1, By: second, Why: "From “There is a decision to make” to “Time to think” everything is about the one choice; only the small “About this sheet” is not, and it comes near the end."},
	{Item: "PM-10", Kind: sheet.Options, Met: 1, By: second, Why: "The table comes first, then “What is special about your mouth,” then “What your dentist advises, and why,” then the boxes to say how I feel, and my questions."},
	{Item: "PM-15", Kind: sheet.Options, Met: 1, By: second, Why: "A small tooth at the head of each column shows what is added and what is taken away, which is the hardest thing to say in words."},
	{Item: "PM-16", Kind: sheet.Options, Met: 1, By: second, Why: "The drawing under “more drilling” has more stripes than that under “a little drilling,” as the row “What does it take from your teeth?” says."},
	{Item: "PM-18", Kind: sheet.Options, Met: 1, By: second, Why: "The drawings are plain lines with nothing around them, and the note under the table says “striped is removed for good, dark is added.”"},
	{Item: "PM-26", Kind: sheet.Options, Met: 1, By: second, Why: "What I do is compare, and the row of drawings lets me do that at a glance."},
	{Item: "CC-4", Kind: sheet.Options, Met: 1, By: second, Why: "“No treatment” has its own drawing beside the others, so the picture says that leaving the teeth as they are is one of the choices."},
	{Item: "CC-13", Kind: sheet.Options, Met: 1, By: second, Why: "It says why choosing slowly matters to me: “No: enamel, the hard outer layer, does not grow back; these teeth always need a cover.”"},
	{Item: "CC-16", Kind: sheet.Options, Met: 0, By: second, Why: "A sheet of paper shows how much 0.1 mm is, but “the nerve dies in about 5 of 100 teeth” does not say in how many years, and “most likely none (could be up to 2)” not of how many."},
	{Item: "CC-18", Kind: sheet.Options, Met: 1, By: second, Why: "“Enamel is gone; cold may sting” says what may happen and why, and where I clench, “Anything glued on chips or comes off more often” says why it may happen to me."},

	{Item: "PM-2", Kind: sheet.Wait, Met: 1, By: second, Why: "It stays with what comes first; “Anything else we may have agreed to talk about is left out on purpose” made me wonder, but it is one line."},
	{Item: "PM-10", Kind: sheet.Wait, Met: 1, By: second, Why: "What is wrong, what is done about it, its risks, what I could do instead, “What happens next,” and my answer on a page of its own at the end."},
	{Item: "PM-15", Kind: sheet.Wait, Met: 1, By: second, Why: "The line of stops under “What happens next” shows the order better than a sentence would."},
	{Item: "PM-16", Kind: sheet.Wait, Met: 0, By: second, Why: "The text is about “One dark tooth (tooth 21),” but the drawing beside it marks all ten teeth in black, and nothing says that black is not dark."},
	{Item: "PM-18", Kind: sheet.Wait, Met: 1, By: second, Why: "The stops are few, each with a short line under it, and the row of teeth has clear numbers."},
	{Item: "PM-26", Kind: sheet.Wait, Met: 1, By: second, Why: "I only have to tick “Yes,” “No” or “Not yet” on page 2, and a dark tooth I can find in a mirror; the line of stops shows when each step comes."},
	{Item: "CC-4", Kind: sheet.Wait, Met: 1, By: second, Why: "Where we wait, the line of stops begins with “What comes first” and ends with “Try-in and gluing,” which is the message."},
	{Item: "CC-13", Kind: sheet.Wait, Met: 1, By: second, Why: "“We do not know yet if this tooth is healthy” and “Acid goes on thinning your teeth, also around new work” tell me why this has to come before anything is glued."},
	{Item: "CC-16", Kind: sheet.Wait, Met: 1, By: second, Why: "“About 51 of 100 people. It mostly passes, but it can stay” says what the number means for me; the others are prices, days and weeks."},
	{Item: "CC-18", Kind: sheet.Wait, Met: 1, By: second, Why: "“A dead one can become infected, so it needs treatment” says what the danger is and why; “It mostly passes, but it can stay” says how the stinging goes on."},

	{Item: "PM-2", Kind: sheet.Consent, Met: 1, By: second, Why: "It is long, but each part, down to “The money” and “Your visits,” is something that I agree to."},
	{Item: "PM-10", Kind: sheet.Consent, Met: 1, By: second, Why: "What, why, “What cannot be undone,” what may go wrong, what else I could choose, the price, “Your right to say no,” then the details, and the signature by itself at the end."},
	{Item: "PM-15", Kind: sheet.Consent, Met: 0, By: second, Why: "The table asks me about some twenty steps, such as “Open a tight spot with a thin strip,” and no drawing shows one, nor a veneer on a tooth."},
	{Item: "PM-16", Kind: sheet.Consent, Met: 1, By: second, Why: "The row of teeth marks the teeth that get veneers, and nothing else is drawn; that black means this, and not dark, I have to guess on pages 1 and 2."},
	{Item: "PM-18", Kind: sheet.Consent, Met: 1, By: second, Why: "The row of teeth is plain, with a number under each tooth that is meant; “Your right” and “Your left” are very small, most of all on page 2, where the row is squeezed in beside the heading."},
	{Item: "PM-26", Kind: sheet.Consent, Met: 1, By: second, Why: "I tick answers for “Tooth 21” and “15–14 and 24–25,” and the row of teeth over the table has those numbers; 16 and 26 have none, but each is the white tooth just outside the black ones."},
	{Item: "CC-4", Kind: sheet.Consent, Met: 1, By: second, Why: "The drawing marks which of my teeth I agree to have covered; it says no more than that."},
	{Item: "CC-13", Kind: sheet.Consent, Met: 1, By: second, Why: "“Taking a veneer off later, or making it again, needs a drill and can cost some tooth” says why I should think before I sign."},
	{Item: "CC-16", Kind: sheet.Consent, Met: 1, By: second, Why: "“Paper is about 0.1 mm thick,” under the table, shows how little “Up to 0.3 mm” is, though it does not say what it is for; “of 100 teeth, about 95 (could be 80 to nearly 100)” says of what, for how long and “How sure.”"},
	{Item: "CC-18", Kind: sheet.Consent, Met: 0, By: second, Why: "“What is more likely to go wrong for you” lists what, but not why it is more likely for me, and “The gum gets sore or draws back” has no cause."},

	{Item: "PM-2", Kind: sheet.TryIn, Met: 0, By: second, Why: "“Paste or mix, tooth or veneer,” “Space made (step)” and “old glue off, never tooth” are the dentist's notes; I can do nothing with them."},
	{Item: "PM-10", Kind: sheet.TryIn, Met: 1, By: second, Why: "I look, I mark each tooth, I read my old answers, and then I say what to glue and sign."},
	{Item: "PM-15", Kind: sheet.TryIn, Met: 1, By: second, Why: "The mirror is the picture here; the row of teeth and the grid in the same order say which tooth is which."},
	{Item: "PM-16", Kind: sheet.TryIn, Met: 1, By: second, Why: "The drawing marks only the teeth that are tried in now: 12, 11, 21 and 22."},
	{Item: "PM-18", Kind: sheet.TryIn, Met: 1, By: second, Why: "The row of teeth is small but plain, and the numbers under it are those over the grid."},
	{Item: "PM-26", Kind: sheet.TryIn, Met: 1, By: second, Why: "I find the tooth that I want changed on the drawing and tick it under the same number."},
	{Item: "CC-4", Kind: sheet.TryIn, Met: 1, By: second, Why: "The drawing and the grid under it support “You can say no to one tooth, or to all”; that nothing is glued yet is in words only."},
	{Item: "CC-13", Kind: sheet.TryIn, Met: 1, By: second, Why: "“Once glued, covers (veneers, crowns) come off only with a drill” says why I should look closely now."},
	{Item: "CC-16", Kind: sheet.TryIn, NotApplicable: true, By: second, Why: "The numbers are those of teeth, tries and days; none says how often or how much."},
	{Item: "CC-18", Kind: sheet.TryIn, Met: 1, By: second, Why: "“The glue can shift the color as it sets; we cannot say how much” tells me what may happen, why, and that nobody can promise."},

	{Item: "PM-2", Kind: sheet.Change, Met: 1, By: second, Why: "Every line is about the one change; the code “KRJ1-6CFY-4H6Y-SE79” is no use to me, but it is small."},
	{Item: "PM-10", Kind: sheet.Change, Met: 1, By: second, Why: "“Agreed before” beside “Proposed now,” then why, what may go wrong, what else is possible, how my teeth are now, and my answer."},
	{Item: "PM-15", Kind: sheet.Change, Met: 0, By: second, Why: "The row of teeth shows which tooth, but no drawing shows how thick the “thin layer” is, where the “yellow layer” is, or what “less near the gum” means."},
	{Item: "PM-16", Kind: sheet.Change, Met: 1, By: second, Why: "The drawing marks one tooth, 21, and that is the one to be drilled."},
	{Item: "PM-18", Kind: sheet.Change, Met: 1, By: second, Why: "The row of teeth is plain, with one black tooth and one number; “Your right” and “Your left” are very small."},
	{Item: "PM-26", Kind: sheet.Change, Met: 1, By: second, Why: "The answer is about “Tooth 21,” and the drawing on the same page shows me which one that is."},
	{Item: "CC-4", Kind: sheet.Change, Met: 1, By: second, Why: "The drawing marks the tooth that the change is about; that nothing happens without my yes is in words only."},
	{Item: "CC-13", Kind: sheet.Change, Met: 1, By: second, Why: "“So nothing rushes you” says why I answer sitting up and clear-headed, and “it cannot be undone” why that matters to me."},
	{Item: "CC-16", Kind: sheet.Change, Met: 0, By: second, Why: "“We take off at most 0.3 mm” means nothing to me without something to compare it with."},
	{Item: "CC-18", Kind: sheet.Change, Met: 1, By: second, Why: "“The tooth may be sensitive, which mostly passes, and its nerve may suffer,” because a layer is drilled off and nobody can measure “how much of its hard outer layer (enamel) is left.”"},

	{Item: "PM-2", Kind: sheet.Aftercare, Met: 1, By: second, Why: "Trouble, care and dates are what I need; the notes under “What was done” and the card “For whoever cleans my teeth” are not for me, but they are on the last page."},
	{Item: "PM-10", Kind: sheet.Aftercare, Met: 1, By: second, Why: "The most urgent is first, then what is normal, then days, weeks and always, then the dates."},
	{Item: "PM-15", Kind: sheet.Aftercare, Met: 0, By: second, Why: "The knocked-out tooth is drawn, but “slide it out sideways” is a movement, is asked of me twice, and is not drawn."},
	{Item: "PM-16", Kind: sheet.Aftercare, Met: 1, By: second, Why: "The one drawing is under “An adult tooth was knocked out” and shows the tooth held by its white end, as the line beside it says; nothing else is drawn."},
	{Item: "PM-18", Kind: sheet.Aftercare, Met: 1, By: second, Why: "The drawing is small but plain: two fingers with nails hold the white end of a tooth, and the root is gray."},
	{Item: "PM-26", Kind: sheet.Aftercare, Met: 0, By: second, Why: "The drawing shows which end to hold, but not how to “put it back and bite on a cloth,” and how to slide floss out sideways is not drawn."},
	{Item: "CC-4", Kind: sheet.Aftercare, Met: 0, By: second, Why: "The message is whom to call and how soon, and only the borders, thinner from “Call 911 now” to “Tell us within 2 weeks,” show it; the one drawing is of a single line."},
	{Item: "CC-13", Kind: sheet.Aftercare, Met: 1, By: second, Why: "“The glue goes on hardening, so be gentle,” “Always, to help them last,” and “It lowers the risk that something breaks” say what it is good for; a few single lines have no reason of their own."},
	{Item: "CC-16", Kind: sheet.Aftercare, Met: 1, By: second, Why: "“Paper is about 0.1 mm thick,” under “What was done,” gives me something to hold “0.05 mm” and “0.2 mm” against, though it does not say what it is for; the times are such that I can act on them, as “for 24–48 hours.”"},
	{Item: "CC-18", Kind: sheet.Aftercare, Met: 1, By: second, Why: "Where the danger is not plain the line names it: “It may be in a lung, however you feel,” “It may be infected,” “A dying nerve need not hurt.”"},
}
