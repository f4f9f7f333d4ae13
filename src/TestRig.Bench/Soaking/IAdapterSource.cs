using TestRig.Bench.Adapters;

namespace TestRig.Bench.Soaking;

/// <summary>Where a soak gets its adapter from, the first time and after it was gone.</summary>
public interface IAdapterSource
{
    /// <exception cref="AdapterException">It is not there, or does not answer.</exception>
    Task<IAdapter> OpenAsync(CancellationToken cancellation);
}
