namespace TestRig.Bench.Reporting;

/// <summary>Folds a sentence at blanks, with its further lines indented below the first word behind the label.</summary>
public static class TextFold
{
    /// <param name="label">Stands in front of the first line and sets the indent of the others.</param>
    /// <param name="width">Of the screen, in characters. A word longer than a line is left whole.</param>
    public static IEnumerable<string> Fold(string label, string words, int width)
    {
        var line = label;
        var empty = true;
        foreach (var word in words.Split(' '))
        {
            if (!empty && line.Length + 1 + word.Length >= width)
            {
                yield return line;
                line = new string(' ', label.Length);
                empty = true;
            }
            line += empty ? word : " " + word;
            empty = false;
        }
        yield return line;
    }
}
