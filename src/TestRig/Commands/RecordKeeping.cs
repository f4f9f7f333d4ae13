using TestRig.Bench.Files;

namespace TestRig.Commands;

/// <summary>Keeps the parts of a record one after the other: where one cannot be kept, the others still are, and all that failed is told at the end.</summary>
internal sealed class RecordKeeping
{
    private readonly List<RunStorageException> _failures = [];

    public bool AllKept => _failures.Count == 0;

    /// <returns>Whether it was kept.</returns>
    public bool Keep(Action keep)
    {
        try
        {
            keep();
            return true;
        }
        catch (RunStorageException failure)
        {
            _failures.Add(failure);
            return false;
        }
    }

    /// <inheritdoc cref="Keep"/>
    public async Task<bool> KeepAsync(Func<Task> keep)
    {
        try
        {
            await keep();
            return true;
        }
        catch (RunStorageException failure)
        {
            _failures.Add(failure);
            return false;
        }
    }

    /// <exception cref="RunStorageException">Something was not kept.</exception>
    public void Close()
    {
        if (!AllKept)
            throw new RunStorageException(string.Join(Environment.NewLine, _failures.Select(failure => failure.Message).Distinct()), _failures[0]);
    }
}
