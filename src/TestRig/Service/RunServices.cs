using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using TestRig.Bench.Plotting;

namespace TestRig.Service;

/// <summary>What the endpoints and pages of runs need. The host adds an <see cref="Bench.Storage.IRunStore"/>.</summary>
internal static class RunServices
{
    public static IServiceCollection AddRunReading(this IServiceCollection services)
    {
        services.TryAddSingleton(TimeProvider.System);
        services.TryAddSingleton(_ => PlotFont.Find());
        services.AddSingleton<RunReading>();
        services.AddRazorComponents();
        return services;
    }
}
