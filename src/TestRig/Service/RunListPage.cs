using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>One page of a list of runs.</summary>
/// <param name="Next">The query of the next page; null where this is the last.</param>
internal sealed record RunListPage(IReadOnlyList<StoredRun> Runs, string? Next)
{
    /// <exception cref="BadQueryException">Something in the query cannot be understood, or the run that it begins behind is not there.</exception>
    /// <exception cref="Bench.Files.RunStorageException">The store cannot be read.</exception>
    public static async Task<RunListPage> ReadAsync(IRunStore store, RunListQuery query, TimeProvider time, CancellationToken cancellation)
    {
        var filter = query.ToFilter(time);
        if (filter.Before is { } before && await store.FindAsync(before, cancellation) is null)
            throw new BadQueryException($"'before' is '{before}', and there is no run of this name any more. Begin with the first page.");
        var found = await store.ListAsync(filter, cancellation);
        return found.Count > query.Most ? new([.. found.Take(query.Most)], query.Behind(found[query.Most - 1].Heading.Id)) : new(found, null);
    }
}
